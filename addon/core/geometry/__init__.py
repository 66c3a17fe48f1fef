"""Triangle meshes: repaired, closed, arranged, measured.

In: vertices and faces as modeled. Out: closed outward surfaces, arrangements and their cells,
winding numbers, rays. Knows nothing of vessels.
"""
