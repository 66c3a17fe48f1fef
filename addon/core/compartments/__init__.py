"""Watertight compartments of a hull, found from its boundaries as modeled.

In: hull, decks, bulkheads, tanks and doors of a case. Out: compartments with volume, boundaries,
neighbors and leaks, from the cells of the arrangement of all surfaces.
"""
