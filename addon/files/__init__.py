"""Files in and out: whole files, meshes (OBJ, PLY, STL, GLB), errors with their place."""
