"""Palewright: the computation behind a fence."""
