"""The trade in frozen dataclasses; standard library only."""
