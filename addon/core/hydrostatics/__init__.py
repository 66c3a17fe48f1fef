"""Hydrostatics and the floating position.

In: a hull, its load and the water. Out: hydrostatic particulars at any attitude, the equilibrium
(minimum of potential energy by Newton steps in a trust region), tank soundings, lateral areas.
"""
