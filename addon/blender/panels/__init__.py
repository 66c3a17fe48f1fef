"""Panels and lists of the sidebar: drawing only, from what the session knows."""
