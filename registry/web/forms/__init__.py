"""Forms: what people type, checked for shape only. The actions decide whether it can be taken."""
