"""What a user waits for, timed: every ``bench_*.py`` runs by itself and prints its figures."""
