"""Naval Checks: hydrostatics and stability of hulls modelled as meshes."""


def register() -> None:
    """Put the add-on into Blender."""
    from . import ui

    ui.register()


def unregister() -> None:
    """Take it out of Blender again."""
    from . import ui

    ui.unregister()
