"""The advice room."""
