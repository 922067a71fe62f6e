"""Knowledge of tubes in words for people."""
