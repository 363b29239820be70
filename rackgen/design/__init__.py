"""The rules that lead from what is asked for to what gets made, one builder a file."""
