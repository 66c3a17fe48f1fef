"""Settings saved in the .blend file: property groups on objects and scenes.

Callbacks emit events only; the controller subscribes.
"""
