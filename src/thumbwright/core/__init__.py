"""What is known and what follows from it: pure calculation, no files, clock, network or paper."""
