"""The telescope room."""
