"""The company's nouns, importable from one place."""

from contractor.models.branch import (
    Branch,
    CodeEdition,
    DriveTime,
    Holiday,
    PlanCosts,
    UsualMaterial,
)
from contractor.models.crew import Crew, CrewMember, DayOff, Machine, MemberSkill, Skill
from contractor.models.event import Event
from contractor.models.material import BattSize, CavityRow, ChartRow, Material
from contractor.models.outbox import MailAddress, OutboxMail
from contractor.models.person import Role, User
from contractor.models.phone import Phone, PhoneLink
from contractor.models.photo import Photo
from contractor.models.rate import CrewPace, LearnedRate, PinnedRate

__all__ = [
    "BattSize",
    "Branch",
    "CavityRow",
    "ChartRow",
    "CodeEdition",
    "Crew",
    "CrewMember",
    "CrewPace",
    "DayOff",
    "DriveTime",
    "Event",
    "Holiday",
    "LearnedRate",
    "Machine",
    "MailAddress",
    "Material",
    "MemberSkill",
    "OutboxMail",
    "Phone",
    "PhoneLink",
    "Photo",
    "PinnedRate",
    "PlanCosts",
    "Role",
    "Skill",
    "User",
    "UsualMaterial",
]
