"""What has to be bought, in the units things are sold in."""
