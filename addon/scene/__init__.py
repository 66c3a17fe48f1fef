"""From the Blender scene to a case: the only place that reads meshes and empties."""
