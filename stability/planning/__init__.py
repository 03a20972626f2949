"""What is worked out before T0."""
