"""The list of jobs; new ones, import, export, erasing."""
