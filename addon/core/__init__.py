"""The naval architecture of the add-on: numpy and the standard library only, never bpy.

In: a `model.case.Case`. Out: frozen results. Packages are layers, each using those below it:
advice, flooding_time, damage, compartments, criteria, stability, hydrostatics, model, buoyancy,
geometry, messages.
"""
