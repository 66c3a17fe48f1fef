"""The vessel in the 3D viewport: results to shapes, shapes to pixels, pixels to the GPU.

In: results kept by the session. Out: water plane, markers, labels, charts. Computes nothing.
"""
