"""Whether a rack is right: findings on how it is made, where it touches, and what it clears."""
