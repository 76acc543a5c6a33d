"""The air room."""
