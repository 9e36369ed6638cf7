"""From the chosen technique to sizes of bone, skin and vessels, and to patterns of paper."""
