"""The numerical core: numpy and the standard library only."""
