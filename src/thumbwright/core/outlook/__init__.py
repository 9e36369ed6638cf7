"""What lies ahead with a technique: its chances, burden and cost, as a tree with doubt."""
