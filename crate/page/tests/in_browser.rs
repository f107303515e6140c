//! What only a real browser can show: the scripting boundary, the canvas, and the patching of the
//! document. Run by wasm-bindgen-test-runner in a headless browser.
#![cfg(target_arch = "wasm32")]
// What a test expects and does not find is its failure.
#![allow(clippy::expect_used)]

use extrados::scene::style::{BLUE, Medium, Token};
use extrados::scene::{Item, Scene, Shape};
use extrados_page::canvas::Canvas;
use extrados_page::patch::Mount;
use extrados_page::tree::{el, svg};
use js_sys::{Array, JSON, Object, Reflect};
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_test::{wasm_bindgen_test, wasm_bindgen_test_configure};
use web_sys::{CanvasRenderingContext2d, HtmlCanvasElement, HtmlInputElement};

wasm_bindgen_test_configure!(run_in_browser);

const CASE: &str = include_str!("../../../demo-data/plain-arch.json");

fn get(value: &JsValue, key: &str) -> JsValue {
    Reflect::get(value, &key.into()).expect("an object")
}

fn parsed() -> JsValue {
    JSON::parse(CASE).expect("the demo case is JSON")
}

fn codes(error: &JsValue) -> Vec<String> {
    let faults: Array = get(error, "faults").dyn_into().expect("the error carries its faults");
    faults.iter().filter_map(|fault| get(&fault, "code").as_string()).collect()
}

#[wasm_bindgen_test]
fn text_and_object_give_the_same_report() {
    let from_text = extrados_page::report(&CASE.into()).expect("a good case");
    let from_object = extrados_page::report(&parsed()).expect("the same case");
    assert_eq!(get(&from_text, "format").as_string().as_deref(), Some("extrados-report"));
    let tunnels = |report: &JsValue| JSON::stringify(&get(report, "tunnels")).map(String::from);
    assert_eq!(tunnels(&from_text), tunnels(&from_object));
    // It is plain data: writing it as JSON keeps every key, so nothing in it is a Map.
    let written = JSON::stringify(&from_text).map(String::from).expect("plain data");
    let native: serde_json::Value = serde_json::from_str(&written).expect("JSON");
    assert_eq!(native["verdicts"].as_array().map(Vec::len), Some(10));
    assert!(native["tunnels"][0]["edge_clearance_mm"].is_f64());
}

#[wasm_bindgen_test]
fn what_is_not_known_is_null_with_its_reason() {
    let case = parsed();
    Reflect::set(&get(&case, "clock"), &"three_oclock_is".into(), &JsValue::NULL).expect("an object");
    let report = extrados_page::report(&case).expect("an unanswered hand is no fault");
    let tunnel = Array::from(&get(&report, "tunnels")).get(0);
    assert!(get(&tunnel, "clearance_mm").is_null());
    assert!(get(&tunnel, "why").as_string().is_some_and(|why| why.contains("3:00")));
}

#[wasm_bindgen_test]
fn a_case_is_checked_as_strictly_as_a_file() {
    let unknown_key = parsed();
    Reflect::set(&unknown_key, &"mystery".into(), &1.into()).expect("an object");
    let error = extrados_page::report(&unknown_key).expect_err("an unknown key is a fault");
    assert!(error.is_instance_of::<js_sys::Error>());
    assert_eq!(codes(&error).len(), 1);

    let not_a_number = parsed();
    Reflect::set(&get(&not_a_number, "errors"), &"diameter_sd_mm".into(), &f64::NAN.into()).expect("an object");
    let error = extrados_page::report(&not_a_number).expect_err("NaN would be written as null");
    let fault = Array::from(&get(&error, "faults")).get(0);
    assert_eq!(get(&fault, "where").as_string().as_deref(), Some("/errors/diameter_sd_mm"));
}

#[wasm_bindgen_test]
fn what_is_no_case_is_refused_and_never_panics() {
    let circle = Object::new();
    Reflect::set(&circle, &"self".into(), &circle).expect("an object");
    for bad in [
        JsValue::UNDEFINED,
        JsValue::NULL,
        JsValue::TRUE,
        1.5.into(),
        "".into(),
        "{".into(),
        Array::new().into(),
        Object::new().into(),
        circle.into(),
    ] {
        let error = extrados_page::report(&bad).expect_err("no case");
        assert!(!codes(&error).is_empty());
    }
}

fn canvas() -> (HtmlCanvasElement, CanvasRenderingContext2d) {
    let document = web_sys::window().and_then(|window| window.document()).expect("a page");
    let canvas: HtmlCanvasElement = document.create_element("canvas").expect("an element").unchecked_into();
    let pen = canvas.get_context("2d").ok().flatten().expect("a context").unchecked_into();
    (canvas, pen)
}

/// Share of pixels of a canvas that are not white or clear.
fn inked(pen: &CanvasRenderingContext2d, width: u32, height: u32) -> f64 {
    let picture = Reflect::get(pen, &"getImageData".into())
        .and_then(|get| get.dyn_into::<js_sys::Function>())
        .and_then(|get| Reflect::apply(&get, pen, &Array::of4(&0.into(), &0.into(), &width.into(), &height.into())))
        .expect("pixels");
    let data: js_sys::Uint8ClampedArray = get(&picture, "data").unchecked_into();
    let data = data.to_vec();
    let dark = data.chunks_exact(4).filter(|pixel| pixel[3] > 0 && pixel[..3].iter().any(|value| *value < 250)).count();
    dark as f64 / (data.len() / 4) as f64
}

fn scene(shape: Shape, token: Token) -> Scene {
    Scene {
        ground: 0,
        name: "test",
        width_mm: 26.458,
        height_mm: 26.458,
        medium: Medium::Screen,
        title: String::new(),
        description: String::new(),
        items: vec![Item { token, shape, tie: None, lit: false }],
    }
}

#[wasm_bindgen_test]
fn a_scene_fills_the_screen_s_own_pixels() {
    let square = Shape::Area(vec![vec![[0.0, 0.0], [13.229, 0.0], [13.229, 26.458], [0.0, 26.458]]]);
    for ratio in [1.0, 2.0] {
        let (element, pen) = canvas();
        let mut canvas = Canvas::new(element.clone()).expect("a canvas");
        canvas.fit([100.0, 100.0], ratio);
        assert_eq!(element.width(), 100 * ratio as u32);
        // Half of it flat, at every ratio the same half.
        canvas.draw(&scene(square.clone(), Token::WallScale)).expect("drawn");
        let share = inked(&pen, element.width(), element.height());
        assert!((share - 0.5).abs() < 0.02, "{share} at {ratio}");
        // A hatch inks a part of its region, and stays inside it.
        canvas.draw(&scene(square.clone(), Token::Seal)).expect("drawn");
        let hatch = Token::Seal.look().hatch.expect("a seal is hatched");
        assert_eq!(hatch.colour, BLUE);
        let share = inked(&pen, element.width(), element.height());
        assert!(share > 0.1 && share < 0.5, "{share} at {ratio}");
    }
}

#[wasm_bindgen_test]
fn what_is_no_number_is_drawn_as_nothing() {
    let (element, pen) = canvas();
    let mut canvas = Canvas::new(element.clone()).expect("a canvas");
    canvas.fit([100.0, 100.0], 1.0);
    for shape in [
        Shape::Area(vec![vec![[f64::NAN, 0.0], [1.0, f64::INFINITY], [2.0, 2.0]]]),
        Shape::Path(vec![[f64::NAN, 0.0], [1.0, f64::NAN]]),
        Shape::Area(vec![vec![]]),
    ] {
        canvas.draw(&scene(shape, Token::Seal)).expect("no fault");
        assert_eq!(inked(&pen, 100, 100), 0.0);
    }
}

#[wasm_bindgen_test]
fn the_document_follows_a_tree_and_keeps_what_did_not_change() {
    let document = web_sys::window().and_then(|window| window.document()).expect("a page");
    let root = document.create_element("div").expect("an element");
    document.body().expect("a body").append_child(&root).expect("appended");
    let mut mount = Mount::new(&document, root.clone());
    let form = |value: &str, note: Option<&str>| {
        vec![
            el("input").with("id", "patched").with("value", value).into(),
            el("p").children(note).into(),
            svg("svg").child(svg("circle").with("r", "5")).into(),
        ]
    };
    mount.show(form("1", None)).expect("shown");
    let input: HtmlInputElement = document.get_element_by_id("patched").expect("there").unchecked_into();
    input.focus().expect("focused");
    // Letters that are being typed stay while something else changes.
    input.set_value("12");
    mount.show(form("1", Some("<b>not markup</b>"))).expect("shown");
    assert_eq!(input.value(), "12");
    assert_eq!(document.active_element().map(|element| element.id()).as_deref(), Some("patched"));
    assert_eq!(
        root.query_selector("p").ok().flatten().and_then(|p| p.text_content()).as_deref(),
        Some("<b>not markup</b>")
    );
    assert!(root.query_selector("b").ok().flatten().is_none());
    assert!(
        root.query_selector("circle")
            .ok()
            .flatten()
            .is_some_and(|circle| circle.namespace_uri().is_some_and(|uri| uri.ends_with("svg")))
    );
    mount.show(form("3", None)).expect("shown");
    assert_eq!(input.value(), "3");
    mount.show(Vec::new()).expect("shown");
    assert_eq!(root.child_nodes().length(), 0);
    root.remove();
}
