"""Pictures of the finished work."""
