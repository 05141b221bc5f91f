"""Tests of harness.kits."""
