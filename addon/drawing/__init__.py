"""Pictures in a plane of pixels: what is drawn, as plain values, and what paints or writes it.

In: areas, strokes and labels in pixels. Out: triangles for the GPU, PNG (ISO/IEC 15948) or SVG.
"""
