"""Units and digits at the edge: lengths, masses, angles and sentences as people write them."""
