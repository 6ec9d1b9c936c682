"""Files in and out: exports of answers as they come, the gradebook back, and writing that is all or nothing."""
