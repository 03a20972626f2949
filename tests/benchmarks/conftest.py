"""Benchmarks are commands: nothing in this folder is collected as a test."""

collect_ignore_glob = ["*.py"]
