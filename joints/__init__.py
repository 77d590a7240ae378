"""Planning, fitting and welding: the verbs and pages of lines, joints, welders and procedures."""
