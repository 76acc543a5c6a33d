"""The commands, one file each; simview.cli tells what such a file holds."""
