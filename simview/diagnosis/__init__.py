"""Photographs of a star out of focus, and what ails the telescope that took them.

reading     files to frames: photographs, FITS, bursts
finding     the star in a frame: cut out, sky and hot pixels taken off, refused with a reason
plates      frames of one side aligned, graded and averaged onto the working grid
pattern     a star out of focus and all its slopes
model       the pictures as a function of everything unknown
fit         least squares, stage by stage, from several starts
sureness    intervals that hold
faults      which faults, in words, and what to do
answer      the record of it all
howto       how to take the pictures
sheet       all of it on one page
again       the sheet made again from its recipe
"""
