"""What is kept: the journal, its views, and the files people write."""
