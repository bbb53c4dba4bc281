//! Image files as containers: which bytes are picture, which are metadata, and how to add a packet without touching the picture.
