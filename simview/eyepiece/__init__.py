"""The eyepiece room."""
