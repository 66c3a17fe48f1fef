"""Results for people to read."""
