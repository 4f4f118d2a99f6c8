"""A screwed tube joint: how many threads hold, do the halves mate, what does it bear, where does it come to rest?"""
