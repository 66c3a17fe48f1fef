"""Everything that knows bpy: from the scene to a case, from results to the screen.

Layers, top first: registration, panels, operators, viewport and pictures, controller, readers,
properties. Each may use those below it.
"""
