//! The files of the screens, as they lie in the binary.

/// A file: its name below `assets/` or its path, and its content.
pub(crate) type File = (&'static str, &'static [u8]);

macro_rules! files {
    ($($name:literal)*) => {
        &[$(($name, include_bytes!(concat!("../../web/assets/", $name)))),*]
    };
}

/// What is sent under paths that stay, each with the file it is.
pub(crate) static PAGES: &[File] = &[
    ("/", include_bytes!("../../web/index.html")),
    ("/runner", include_bytes!("../../web/runner.html")),
    (
        "/manifest.webmanifest",
        include_bytes!("../../web/manifest.webmanifest"),
    ),
];

/// What pages need, by name.
pub(crate) static ASSETS: &[File] = files! {
    "api.js"
    "app.js"
    "axis.js"
    "backoff.js"
    "badge.js"
    "board.js"
    "callmodel.js"
    "calls.js"
    "dom.js"
    "early.js"
    "favicon-1.svg"
    "favicon-2.svg"
    "favicon-3.svg"
    "favicon-4.svg"
    "favicon-5.svg"
    "favicon-6.svg"
    "favicon-7.svg"
    "favicon-8.svg"
    "favicon-9.svg"
    "favicon-more.svg"
    "favicon.svg"
    "filter.js"
    "filterbar.js"
    "forms.js"
    "freshness.js"
    "help.js"
    "icon-192.png"
    "icon-512.png"
    "icon-maskable-512.png"
    "keys.js"
    "kitform.js"
    "kitmodel.js"
    "kitwords.js"
    "language.js"
    "late.js"
    "linkview.js"
    "live.js"
    "narrow.css"
    "ops.css"
    "panel.js"
    "panels.css"
    "panels.js"
    "pass.js"
    "people.js"
    "peoplemodel.js"
    "rowmodel.js"
    "rowview.js"
    "rundown.js"
    "runner-guard.js"
    "runner-head.js"
    "runner-jobs.js"
    "runner-menu.js"
    "runner-notices.js"
    "runner-phone.js"
    "runner-queue.js"
    "runner-report.js"
    "runner-say.js"
    "runner-send.js"
    "runner-typed.js"
    "runner-unsent.js"
    "runner-walk.js"
    "runner.css"
    "runner.js"
    "running.js"
    "runout.js"
    "settings.js"
    "sheet.js"
    "sheetforms.js"
    "sheetmodel.js"
    "sheetpicture.js"
    "sheets.css"
    "sheetsend.js"
    "sheetstory.js"
    "signin.js"
    "socket.js"
    "sound.js"
    "span.js"
    "store.js"
    "stretches.js"
    "svg.js"
    "time.js"
    "tools.js"
    "undo.js"
    "uuid.js"
    "windowedit.js"
    "windowmodel.js"
    "windows.css"
    "windows.js"
    "words-de.js"
    "words-en.js"
    "words-kit-de.js"
    "words-kit-en.js"
    "words-panels-de.js"
    "words-panels-en.js"
    "words-runner-de.js"
    "words-runner-en.js"
    "words.js"
};
