"""Cases on disk: facts, decisions and issued papers, and every change that was ever made."""
