"""The job sheet: a conversation written down for a workshop, as Markdown and as a self-contained page that prints.

For the chat: when the intents last heard hold one of kind `sheet`, call

    from assistant.sheet.files import save
    saved = save(case, [Path.cwd(), data_folder()], keeper.name)

It writes two new files into the first folder that takes them, overwrites nothing, raises nothing for a folder that cannot
be written, and gives back the paths and one plain line to show (`saved.line`). `write(case, folder)` is the same for one
folder and raises OSError. Both only read the case.
"""
