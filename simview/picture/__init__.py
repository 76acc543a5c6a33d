"""The picture room."""
