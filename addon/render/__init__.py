"""Documentation pictures: a ship afloat in level water, with her figures."""
