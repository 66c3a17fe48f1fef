"""Inside Blender: install the extension's zip, see that it is on and whole, turn it off.

scripts/build.py --install-into runs this with the user folders moved to a throwaway place.
"""

import importlib
import sys

import bpy

MODULE = "bl_ext.user_default.naval_checks"
PROPERTY = "naval_checks"
"""On bpy.types.Object while the add-on is registered."""


def state() -> tuple[bool, bool]:
    """Whether Blender lists the add-on as enabled, and whether its register() really ran."""
    return MODULE in bpy.context.preferences.addons, hasattr(bpy.types.Object, PROPERTY)


def check(package: str) -> None:
    import addon_utils  # on the path only once bpy is imported

    bpy.ops.extensions.package_install_files(
        filepath=package, repo="user_default", enable_on_install=True
    )
    assert state() == (True, True), f"enabled, registered: {state()}"
    violations = addon_utils._extensions_warnings_get()
    assert not violations, violations
    check_charts()
    check_examples()
    bpy.ops.preferences.addon_disable(module=MODULE)
    assert state() == (False, False), f"after disabling: enabled, registered: {state()}"
    print(f"installed, enabled and disabled in Blender {bpy.app.version_string}")


def check_charts() -> None:
    """A chart is drawn in every form that it has."""
    charts = importlib.import_module(f"{MODULE}.charts.loading_charts")
    page = importlib.import_module(f"{MODULE}.charts.page")
    chart = charts.limiting_kg_chart({"rows": []})
    assert page.chart_svg(chart).startswith("<svg")
    assert page.chart_png(chart).startswith(b"\x89PNG")


def check_examples() -> None:
    """The example ships came along, each with its files."""
    loader = importlib.import_module(f"{MODULE}.examples.loader")
    assert loader.DEFAULT in loader.EXAMPLES, loader.EXAMPLES
    for key in loader.EXAMPLES:
        loader.load_example(key)


check(sys.argv[-1])
