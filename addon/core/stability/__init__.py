"""Stability at large angles.

In: a loaded hull. Out: GZ curve to both sides, areas, angles of vanishing stability, immersion
angles, KN cross curves, heeling levers. GZ is solved at constant displacement, free to trim.
"""
