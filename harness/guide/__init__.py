"""The pages of the guide, as text files beside this one."""
