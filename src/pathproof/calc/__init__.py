"""Pure functions of numbers and arrays: no files, no clock, no models."""
