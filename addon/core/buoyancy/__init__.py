"""A closed surface, or a signed sum of them, cut by one plane.

In: triangles and a water plane. Out: volume, center of buoyancy, waterplane area and its moments,
waterlines and sections. Exact surface integrals by a tree of blocks, no cap needed.
"""
