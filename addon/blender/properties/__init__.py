"""What the .blend file keeps: property groups on objects and scenes.

Callbacks emit events only; the controller subscribes.
"""
