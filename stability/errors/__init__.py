"""What a user can put right: one base class, one class per fault, a module per area.

The wording of each message lives in its class: what is wrong, where, and how to
mend it. Nothing of ours is imported here.

base         Base of every fault that a user can put right
reports      Reports, their fonts and figures
codes        Numbers, text, codes and moments as they are typed
files        Files that are read: protocols, studies, tables and workbooks
command_line Options that do not fit together
planning     Plans of a study that is still to come
studies      Studies: known, named, compared, amended
samples      Samples and what is observed of them
database     The workspace's database
archives     Archives, anchors and copies of a record
certificates Certificates of laboratories
bench        Readings entered at the bench
labels       Labels and the calendar
instruments  Instruments and their calibrations
photographs  Photographs
storage      Storage places and their loggers
"""

from stability.errors.base import StabilityError

__all__ = ["StabilityError"]
