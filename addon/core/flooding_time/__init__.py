"""Progressive flooding in time, quasi-static in calm water.

In: compartments, flooding paths and pumps. Out: water, attitude and events over time.
Orifice law for the flow; TR-BDF2 steps with error control.
"""
