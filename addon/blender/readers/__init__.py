"""Objects of the scene read into hulls, parts and cases of the core.

In: an evaluated dependency graph. Out: `Case`s in ship axes, with findings.
"""
