"""Stations as PDF pages."""
