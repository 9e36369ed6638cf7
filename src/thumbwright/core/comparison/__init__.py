"""What counts, how much it counts for this patient, and the first order of the techniques."""
