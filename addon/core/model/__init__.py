"""The vessel as the core knows it.

In: arrays and plain values in ship axes (x forward, y to port, z up; m, kg, rad).
Out: a `Case`: hull, weights, tanks, openings, service, conditions, marks of compartments.
"""
