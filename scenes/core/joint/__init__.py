"""The count with people: the changes that few people can make, chosen over all guises at once."""

from scenes.core.joint.checking import check_joint
from scenes.core.joint.results import BuildHours, JointChange, JointCount, JointGuise
from scenes.core.joint.solving import count_with_people

__all__ = [
    "BuildHours",
    "JointChange",
    "JointCount",
    "JointGuise",
    "check_joint",
    "count_with_people",
]
