"""Drawing of the floating ship in the 3D viewport."""
