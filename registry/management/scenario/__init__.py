"""The demonstration: an invented world of files, played into an empty registry through the actions, day by day.

files       reads fixtures/ and says plainly what is missing there
names       what the files' short names stand for in the database
timeline    everything that happens, in order of days, played in one transaction
opening     members, roles and the catalogue
reports     reports with their examples, photographs and marks
opinions    votes, disputes, statements of order and what moderators decide
sightings   sightings, cabinets and sample crops
asides      gloss readings, pictures that members ask about, what they follow
walk        the main path, each step in a transaction of its own; steps already taken are only told
telling     the words of it, always from what is stored
pull        another program that fetches an edition over HTTP from this machine
accounts    the accounts one may sign in with
"""
