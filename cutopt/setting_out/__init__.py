"""Where the first tile goes: the best start of all surfaces of a job, found exactly."""

from cutopt.setting_out.find import Chosen as Chosen
from cutopt.setting_out.find import Found as Found
from cutopt.setting_out.find import find as find
from cutopt.setting_out.joints import joint_changes as joint_changes
from cutopt.setting_out.proposals import set_out_of as set_out_of
