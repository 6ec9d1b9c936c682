"""The class page: what the class misunderstands, whom to teach it again, and what to put on the board."""
