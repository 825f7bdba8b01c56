"""Line balance against published optima, against all possible lines, and against laws."""
