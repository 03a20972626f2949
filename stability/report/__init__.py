"""What is read: text, figures and PDF."""
