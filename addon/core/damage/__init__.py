"""Damage stability: compartments open to the sea, by lost buoyancy.

In: a case and the compartments breached. Out: the damaged equilibrium, residual GZ, s-factor
(SOLAS II-1 regulation 7-2), floodable length, permissible bulkhead ranges.
"""
