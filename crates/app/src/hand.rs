//! What is handed over to the browser and taken from it: files, print, chosen values.

use js_sys::Array;
use leptos::prelude::*;
use wasm_bindgen::JsCast;
use wasm_bindgen_futures::JsFuture;
use web_sys::{
    Blob, BlobPropertyBag, Event, File, HtmlAnchorElement, HtmlElement, HtmlIFrameElement, HtmlInputElement,
    Url,
};

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

/// The text of a file that comes with the app.
///
/// # Errors
/// Where it does not come.
pub(crate) async fn text_of(file: &str) -> Result<String, String> {
    let said = |error: wasm_bindgen::JsValue| format!("{file}: {error:?}");
    let reply: web_sys::Response =
        JsFuture::from(window().fetch_with_str(file)).await.map_err(said)?.unchecked_into();
    if !reply.ok() {
        return Err(format!("{file}: {}", reply.status()));
    }
    let text = JsFuture::from(reply.text().map_err(said)?).await.map_err(said)?;
    text.as_string().ok_or_else(|| format!("{file}: not a text"))
}

/// Scrolls to what has come, once it is there.
pub(crate) fn bring_into_sight(id: &'static str) {
    request_animation_frame(move || {
        if let Some(found) = document().get_element_by_id(id) {
            found.scroll_into_view();
        }
    });
}

/// The value of a form field that an event came from.
pub(crate) fn value(event: &Event) -> String {
    event_target_value(event)
}

/// A photo that was taken or chosen.
pub struct Photo {
    /// The SHA-256 of its bytes, in hexadecimal digits.
    pub hash: String,
    /// How many bytes.
    pub size: u64,
    /// Its media type.
    pub mime: String,
    /// Its bytes, as a data address.
    pub address: String,
}

/// The photo that was chosen in an input.
pub async fn chosen_photo(event: &Event) -> Option<Photo> {
    let file = chosen_file(event)?;
    let buffer = JsFuture::from(file.array_buffer()).await.ok()?;
    let subtle = window().crypto().ok()?.subtle();
    let digest = subtle.digest_with_str_and_buffer_source("SHA-256", buffer.unchecked_ref()).ok()?;
    let digest = js_sys::Uint8Array::new(&JsFuture::from(digest).await.ok()?).to_vec();
    let bytes = js_sys::Uint8Array::new(&buffer).to_vec();
    // The browser's own base64 takes text in which each character is one byte.
    let text: String = bytes.iter().copied().map(char::from).collect();
    let base64 = window().btoa(&text).ok()?;
    Some(Photo {
        hash: digest.iter().map(|byte| format!("{byte:02x}")).collect(),
        size: bytes.len() as u64,
        address: format!("data:{};base64,{base64}", file.type_()),
        mime: file.type_(),
    })
}

/// Prints a whole page by itself, in a frame that nobody sees.
pub fn print_page(html: &str) {
    let old = document().get_element_by_id("print-frame");
    if let Some(old) = old {
        old.remove();
    }
    let Some(frame) =
        document().create_element("iframe").ok().and_then(|made| made.dyn_into::<HtmlIFrameElement>().ok())
    else {
        return;
    };
    frame.set_id("print-frame");
    frame.set_srcdoc(html);
    let shown = frame.clone();
    let then = wasm_bindgen::closure::Closure::once_into_js(move || {
        if let Some(inside) = shown.content_window() {
            // A browser without a print dialogue does nothing.
            let _ = inside.print();
        }
    });
    frame.set_onload(Some(then.unchecked_ref()));
    if let Some(body) = document().body() {
        // The body takes every element.
        let _ = body.append_child(&frame);
    }
}
