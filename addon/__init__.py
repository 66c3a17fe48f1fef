"""Naval Checks: hydrostatics and stability of hulls modeled as meshes."""


def register() -> None:
    """Put the add-on into Blender."""
    from .blender import registration

    registration.register()


def unregister() -> None:
    """Take it out of Blender again."""
    from .blender import registration

    registration.unregister()
