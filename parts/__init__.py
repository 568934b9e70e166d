"""What one part is and how it becomes files; knows no rocket."""
