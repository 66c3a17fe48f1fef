"""Example vessels as data: a folder each, with its case, meshes and weight list.

In: the name of a folder. Out: an `Example`, or the case's files copied to start from. None is a
real vessel. Meshes in `fittings` are for the eye: they displace no water and belong to no case.
"""
