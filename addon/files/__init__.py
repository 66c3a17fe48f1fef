"""Files in and out: cases, weight lists, meshes, results, examples."""
