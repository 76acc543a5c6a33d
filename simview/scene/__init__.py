"""The scene room."""
