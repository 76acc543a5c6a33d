"""The eye room."""
