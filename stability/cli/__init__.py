"""The command line: call workflow, print."""
