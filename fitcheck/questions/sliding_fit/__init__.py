"""A chassis that slides in the tube: does it go in, rattle, jam, bind warm, or sag?"""
