"""Identifiers of operators and panels."""

from enum import StrEnum

TAB = "Naval Checks"
COMMAND = "naval_checks"


class Ops(StrEnum):
    """bl_idname of every operator."""

    MARK_HULL = "naval_checks.mark_hull"
    UNMARK = "naval_checks.unmark"
    ADD_WEIGHT = "naval_checks.add_weight"
    USE_USUAL = "naval_checks.use_usual"
    TAG_WEIGHTS = "naval_checks.tag_weights"
    MARK_TANKS = "naval_checks.mark_tanks"
    MARK_WINDAGE = "naval_checks.mark_windage"
    MARK_OPENINGS = "naval_checks.mark_openings"
    ADD_OPENING = "naval_checks.add_opening"
    COMPUTE = "naval_checks.compute"
    CLEAR = "naval_checks.clear"
    SELECT_FAULTS = "naval_checks.select_faults"
    SELECT_OBJECT = "naval_checks.select_object"
    SHOW_OPENING = "naval_checks.show_opening"
    EXPLAIN = "naval_checks.explain"
    CHOOSE_ITEM = "naval_checks.choose_item"
    EDIT_LIST = "naval_checks.edit_list"
    STOW = "naval_checks.stow"
    STOW_GROUP = "naval_checks.stow_group"
    COMPARE = "naval_checks.compare"
    SWITCH_LOOK = "naval_checks.switch_look"
    MOVE_CHART = "naval_checks.move_chart"
    SCRUB_HEEL = "naval_checks.scrub_heel"
    EXPORT_CASE = "naval_checks.export_case"
