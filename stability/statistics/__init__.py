"""Pure functions over arrays and frames that return model records."""
