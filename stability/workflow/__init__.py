"""One function per verb: load, compute, record, return a model value."""
