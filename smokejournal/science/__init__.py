"""Pure functions over numbers and arrays, in SI units. They know no cook, no clock and no file."""
