"""The verbs, in the order of the story. Each is one transaction, one permission check and one journal line."""

from .drafts import edit_draft, start_draft, withdraw_draft  # isort: skip
from .attach import TakenIn, add_example, attach_photo, describe_photo, take_in  # isort: skip
from .discard import discard_photo  # isort: skip
from .opening import add_remark, close_draft, open_draft, remove_remark  # isort: skip
from .likenesses import compare_photo  # isort: skip
from .photo_files import draw_photo  # isort: skip
from .possession import give_code, see_code  # isort: skip
from .sweep import sweep_photos  # isort: skip
from .takedown import restore_photo, take_down_photo, take_in_again  # isort: skip
from .submit import send_submission  # isort: skip
from .mark import mark_region, parse_fragment, remove_mark  # isort: skip
from .colours import look_for_chart, measure_photo, place_chart  # isort: skip
from .gloss import add_gloss_reading, remove_gloss_reading  # isort: skip
from .measuring import measure_on_photo, remove_measurement, work_out  # isort: skip
from .sight import report_sighting, withdraw_sighting  # isort: skip
from .import_sightings import import_sightings  # isort: skip
from .order import add_code_pattern, close_statement, make_statement  # isort: skip
from .vote import cast_vote, cast_votes, withdraw_vote  # isort: skip
from .agree import agree_with_example  # isort: skip
from .sides import vote_on_sides  # isort: skip
from .dispute import close_dispute, open_dispute, withdraw_dispute  # isort: skip
from .held import decline_held, release_held  # isort: skip
from .interests import declare_interest, end_interest  # isort: skip
from .controls import answer_control  # isort: skip
from .concerns import close_concern, forget_addresses, look_for_lockstep, note_address, tell_moderators  # isort: skip
from .settle import settle_release  # isort: skip
from .events import (  # isort: skip
    Part,
    merge_variants,
    restore_variant,
    retitle_variant,
    split_variant,
    strike_variant,
)
from .consensus import adopt_fit, make_fit, settle_under_new_fit  # isort: skip
from .catalogue import (  # isort: skip
    add_assortment,
    add_casting,
    add_line,
    add_maker,
    add_pack,
    add_pack_version,
    add_release,
    mark_sealed_unobtainable,
)
from .availability import add_availability  # isort: skip
from .cases import say_case_content  # isort: skip
from .inspection import (  # isort: skip
    add_state,
    add_trait,
    adopt_trait,
    record_drift,
    set_fidelity,
    set_sample,
)
from .curate import accept, merge, rename  # isort: skip
from .publish import FILES, edition_file, publish_edition, write_files  # isort: skip
from .people import (  # isort: skip
    create_token,
    declare_link,
    grant_role,
    join,
    reinstate,
    revoke_role,
    revoke_token,
    suspend,
    token_digest,
)
from .erase import erase_member  # isort: skip
from . import two_persons as two_persons  # isort: skip
from .cabinet import change_item, own_one, put_item, take_item_out  # isort: skip
from .hunt import set_hunt  # isort: skip
from .import_cabinet import import_cabinet  # isort: skip
from .watch import follow, mail_news, mark_news_seen, tell_by_mail, unfollow  # isort: skip

__all__ = [
    "FILES",
    "Part",
    "TakenIn",
    "accept",
    "add_assortment",
    "add_availability",
    "add_casting",
    "add_code_pattern",
    "add_example",
    "add_gloss_reading",
    "add_line",
    "add_maker",
    "add_pack",
    "add_pack_version",
    "add_release",
    "add_remark",
    "add_state",
    "add_trait",
    "adopt_fit",
    "adopt_trait",
    "agree_with_example",
    "answer_control",
    "attach_photo",
    "cast_vote",
    "cast_votes",
    "change_item",
    "close_concern",
    "close_dispute",
    "close_draft",
    "close_statement",
    "compare_photo",
    "create_token",
    "declare_interest",
    "declare_link",
    "decline_held",
    "describe_photo",
    "discard_photo",
    "draw_photo",
    "edit_draft",
    "edition_file",
    "end_interest",
    "erase_member",
    "follow",
    "forget_addresses",
    "give_code",
    "grant_role",
    "join",
    "look_for_chart",
    "look_for_lockstep",
    "mail_news",
    "import_cabinet",
    "import_sightings",
    "make_fit",
    "make_statement",
    "mark_news_seen",
    "mark_region",
    "mark_sealed_unobtainable",
    "measure_on_photo",
    "measure_photo",
    "merge",
    "merge_variants",
    "note_address",
    "open_dispute",
    "open_draft",
    "own_one",
    "parse_fragment",
    "place_chart",
    "publish_edition",
    "put_item",
    "record_drift",
    "reinstate",
    "release_held",
    "remove_gloss_reading",
    "remove_mark",
    "remove_measurement",
    "remove_remark",
    "rename",
    "report_sighting",
    "restore_photo",
    "restore_variant",
    "retitle_variant",
    "revoke_role",
    "revoke_token",
    "say_case_content",
    "see_code",
    "send_submission",
    "set_fidelity",
    "set_hunt",
    "set_sample",
    "settle_release",
    "settle_under_new_fit",
    "split_variant",
    "start_draft",
    "strike_variant",
    "suspend",
    "sweep_photos",
    "take_down_photo",
    "take_in",
    "take_in_again",
    "take_item_out",
    "tell_by_mail",
    "tell_moderators",
    "token_digest",
    "unfollow",
    "vote_on_sides",
    "withdraw_dispute",
    "withdraw_draft",
    "withdraw_sighting",
    "withdraw_vote",
    "work_out",
    "write_files",
]
