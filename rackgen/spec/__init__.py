"""What is asked for, read from preset files into frozen, validated records."""
