"""What earlier homeworks showed: a small database file beside the rubric, and what it says about change over time."""
