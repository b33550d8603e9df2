//! What is handed over to the browser and taken from it: files, print, chosen values.

use js_sys::Array;
use leptos::prelude::*;
use wasm_bindgen::JsCast;
use wasm_bindgen_futures::JsFuture;
use web_sys::{Blob, BlobPropertyBag, Event, File, HtmlAnchorElement, HtmlElement, HtmlInputElement, Url};

/// Opens the device's own dialogue of a hidden file input.
pub(crate) fn choose_file(id: &str) {
    if let Some(input) =
        document().get_element_by_id(id).and_then(|found| found.dyn_into::<HtmlElement>().ok())
    {
        input.click();
    }
}

/// The file that was chosen in an input.
pub(crate) fn chosen_file(event: &Event) -> Option<File> {
    let input: HtmlInputElement = event.target()?.dyn_into().ok()?;
    let file = input.files()?.get(0);
    // The same file can be chosen again.
    input.set_value("");
    file
}

/// The text of the file that was chosen in an input; bytes that are no text become marks that the reader then names.
pub(crate) async fn chosen_text(event: &Event) -> Option<String> {
    let file = chosen_file(event)?;
    JsFuture::from(file.text()).await.ok()?.as_string()
}

/// Hands a text over as a file.
pub(crate) fn save_text(name: &str, text: &str, kind: &str) {
    let options = BlobPropertyBag::new();
    options.set_type(kind);
    let Ok(blob) = Blob::new_with_str_sequence_and_options(&Array::of1(&text.into()), &options) else {
        return;
    };
    let Ok(address) = Url::create_object_url_with_blob(&blob) else { return };
    if let Some(link) =
        document().create_element("a").ok().and_then(|link| link.dyn_into::<HtmlAnchorElement>().ok())
    {
        link.set_href(&address);
        link.set_download(name);
        link.click();
    }
    // The download has begun; the address is no longer needed.
    let _ = Url::revoke_object_url(&address);
}

/// Opens the device's print dialogue.
pub(crate) fn print() {
    // A browser without one does nothing.
    let _ = window().print();
}

/// The value of a form field that an event came from.
pub(crate) fn value(event: &Event) -> String {
    event_target_value(event)
}
