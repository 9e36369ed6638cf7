"""What was published of each technique, pooled, and what it means for this patient."""
