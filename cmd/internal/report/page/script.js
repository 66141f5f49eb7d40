
"use strict";
(() => {
const $ = (s, at = document) => at.querySelector(s), all = (s, at = document) => [...at.querySelectorAll(s)];
const list = $("#parts"), parts = [...list.children].filter(p => p.matches("details")), nothing = $("#nothing");
const search = $("#search"), treatment = $("#treatment"), rule = $("#rule"), material = $("#material"), order = $("#order");

// A part that waits as text is made when it is wanted.
function fill(part) {
	const later = part.querySelector(":scope > .later");
	if (later) { later.insertAdjacentHTML("afterend", later.textContent); later.remove(); }
}

// Which parts are shown.
function filter() {
	const words = search.value.toLowerCase().split(/\s+/).filter(Boolean);
	let n = 0;
	for (const p of parts) {
		const d = p.dataset;
		const ok = (!treatment.value || d.t === treatment.value) && (!rule.value || d.r.includes(" " + rule.value + " ")) &&
			(!material.value || (material.value === "?" ? d.m === "" : d.m === material.value)) && words.every(w => d.q.includes(w));
		p.hidden = !ok;
		n += ok;
	}
	$("#shown").textContent = n === parts.length ? n + " shown" : n + " of " + parts.length + " shown";
	nothing.hidden = n > 0;
	for (const b of all(".count")) b.setAttribute("aria-pressed", String(b.dataset.t === treatment.value));
	label();
}
function sort() {
	const num = k => (a, b) => b.dataset[k] - a.dataset[k];
	const by = {worst: () => 0, bench: num("bench"), cost: num("cost"), places: num("places"),
		name: (a, b) => a.dataset.q < b.dataset.q ? -1 : a.dataset.q > b.dataset.q ? 1 : 0}[order.value];
	list.append(...parts.slice().sort(by), nothing);
}
function everything() {
	search.value = treatment.value = rule.value = material.value = "";
	filter();
}
const visible = () => [...list.children].filter(p => p.matches("details") && !p.hidden);
let waiting = 0;
search.addEventListener("input", () => { clearTimeout(waiting); waiting = setTimeout(filter, 80); });
for (const s of [treatment, rule, material]) s.addEventListener("change", filter);
order.addEventListener("change", sort);
$("#find").addEventListener("submit", e => { e.preventDefault(); filter(); });
$("#clear").addEventListener("click", everything);
for (const b of all(".count")) b.addEventListener("click", () => {
	treatment.value = treatment.value === b.dataset.t ? "" : b.dataset.t;
	filter();
});
const openAll = $("#all");
function label() { openAll.textContent = parts.some(p => !p.hidden && !p.open) ? "Open all" : "Close all"; }
openAll.addEventListener("click", () => {
	const open = visible().some(p => !p.open);
	for (const p of visible()) { if (open) fill(p); p.open = open; }
	label();
});

// Light and dark. A page opened from a disk may not be allowed to remember.
const root = document.documentElement, theme = $("#theme"), system = matchMedia("(prefers-color-scheme: dark)");
const dark = () => (root.dataset.theme || (system.matches ? "dark" : "light")) === "dark";
const name = () => { theme.textContent = dark() ? "Light" : "Dark"; };
try { const t = localStorage.getItem("burrcast-theme"); if (t === "light" || t === "dark") root.dataset.theme = t; } catch {}
theme.addEventListener("click", () => {
	root.dataset.theme = dark() ? "light" : "dark";
	try { localStorage.setItem("burrcast-theme", root.dataset.theme); } catch {}
	name();
});
system.addEventListener("change", name);
name();

// Looking nearer: the picture's view box is what is seen of it.
const whole = svg => svg.whole || (svg.whole = svg.getAttribute("viewBox").split(" ").map(Number));
const seen = svg => svg.getAttribute("viewBox").split(" ").map(Number);
function look(svg, box) {
	const w = whole(svg), size = Math.min(Math.max(box[2], w[2] / 2000), w[2]), high = size * w[3] / w[2];
	const x = Math.min(Math.max(box[0] + (box[2] - size) / 2, w[0]), w[0] + w[2] - size);
	const y = Math.min(Math.max(box[1] + (box[3] - high) / 2, w[1]), w[1] + w[3] - high);
	svg.setAttribute("viewBox", [x, y, size, high].map(v => +v.toFixed(4)).join(" "));
	svg.classList.toggle("near", size < w[2]);
	fit(svg);
}
// Marks keep their size on the screen; a whole part on a phone has room for no more than that.
function fit(svg) {
	const box = seen(svg), wide = svg.getBoundingClientRect().width || 960;
	const k = box[2] / wide;
	svg.style.setProperty("--k", box[2] < whole(svg)[2] ? k : Math.min(Math.max(k / 1.3, 1), 1.3));
	const bar = $(".scale path", svg.parentNode), scale = svg.dataset.scale * whole(svg)[2] / box[2];
	const most = 240 / scale, ten = 10 ** Math.floor(Math.log10(most)), long = [5, 2, 1].find(n => n * ten <= most) * ten;
	const end = (40 + long * scale).toFixed(2);
	bar.setAttribute("d", `M40 1V9M40 5H${end}M${end} 1V9`);
	$(".mm", svg.parentNode).textContent = +long.toPrecision(3) + " mm";
}
function moveTo(svg, box) {
	if (matchMedia("(prefers-reduced-motion: reduce)").matches) return look(svg, box);
	const from = seen(svg), start = performance.now();
	svg.moving = start;
	const step = now => {
		if (svg.moving !== start) return;
		const t = Math.min(1, Math.max(0, now - start) / 180), e = t * (2 - t);
		look(svg, from.map((v, i) => v + (box[i] - v) * e));
		if (t < 1) requestAnimationFrame(step);
	};
	requestAnimationFrame(step);
}
function zoom(svg, by, at) {
	const b = seen(svg), c = at || [b[0] + b[2] / 2, b[1] + b[3] / 2];
	return [c[0] - (c[0] - b[0]) * by, c[1] - (c[1] - b[1]) * by, b[2] * by, b[3] * by];
}
function mark(part, key) {
	for (const m of all(".mk", part)) m.classList.toggle("on", m.dataset.k === key);
	for (const b of all(".place", part)) b.dataset.k === key ? b.setAttribute("aria-current", "true") : b.removeAttribute("aria-current");
}
function show(part, key) {
	const b = $(`.place[data-k="${key}"]`, part), svg = $(".pic", part);
	if (!b || !svg || !b.dataset.at) return;
	const again = b.getAttribute("aria-current") === "true", w = whole(svg), [x, y] = b.dataset.at.split(" ").map(Number);
	const size = again ? Math.max(seen(svg)[2] / 2.5, w[2] / 2000) : w[2] / 6, high = size * w[3] / w[2];
	mark(part, key);
	moveTo(svg, [x - size / 2, y - high / 2, size, high]);
	const more = b.closest(".more");
	if (more) more.open = true;
	return b;
}
function back(part) {
	const svg = $(".pic", part);
	mark(part, "");
	if (svg) moveTo(svg, whole(svg));
}
list.addEventListener("click", e => {
	const part = e.target.closest(".part[id]");
	if (!part) return;
	const place = e.target.closest(".place"), m = e.target.closest(".mk"), tool = e.target.closest("[data-zoom]"), svg = $(".pic", part);
	if (place) show(part, place.dataset.k);
	else if (m) { const b = show(part, m.dataset.k); if (b) b.scrollIntoView({block: "nearest"}); }
	else if (tool && tool.dataset.zoom === "all") back(part);
	else if (tool) moveTo(svg, zoom(svg, tool.dataset.zoom === "in" ? .5 : 2));
});
list.addEventListener("wheel", e => {
	const svg = e.target.closest(".pic");
	if (!svg || !(e.ctrlKey || svg.classList.contains("near"))) return;
	e.preventDefault();
	const r = svg.getBoundingClientRect(), b = seen(svg), s = Math.max(b[2] / r.width, b[3] / r.height);
	const at = [b[0] + b[2] / 2 + (e.clientX - r.left - r.width / 2) * s, b[1] + b[3] / 2 + (e.clientY - r.top - r.height / 2) * s];
	look(svg, zoom(svg, e.deltaY > 0 ? 1.2 : 1 / 1.2, at));
}, {passive: false});
let drag = null;
list.addEventListener("pointerdown", e => {
	const svg = e.target.closest(".pic.near");
	if (svg && !e.target.closest(".mk")) { drag = {svg, x: e.clientX, y: e.clientY, box: seen(svg)}; svg.setPointerCapture(e.pointerId); }
});
list.addEventListener("pointermove", e => {
	if (!drag) return;
	const r = drag.svg.getBoundingClientRect(), b = drag.box, s = Math.max(b[2] / r.width, b[3] / r.height);
	look(drag.svg, [b[0] - (e.clientX - drag.x) * s, b[1] - (e.clientY - drag.y) * s, b[2], b[3]]);
});
for (const end of ["pointerup", "pointercancel"]) list.addEventListener(end, () => { drag = null; });
list.addEventListener("toggle", e => {
	if (!e.target.matches(".part")) return;
	if (e.target.open) fill(e.target);
	const svg = $(".pic", e.target);
	if (e.target.open && svg) fit(svg);
	label();
}, true);
addEventListener("resize", () => { for (const p of parts) if (p.open && $(".pic", p)) fit($(".pic", p)); });

// Links of the overview.
function follow() {
	const p = location.hash.length > 1 && document.getElementById(location.hash.slice(1));
	if (!p || !parts.includes(p)) return;
	if (p.hidden) everything();
	fill(p);
	p.open = true;
	p.scrollIntoView();
	$("summary", p).focus({preventScroll: true});
}
addEventListener("hashchange", follow);
document.addEventListener("click", e => { const a = e.target.closest("a[href^='#']"); if (a && a.hash === location.hash) follow(); });

// Keys.
const here = () => document.activeElement.closest(".part[id]") || null;
document.addEventListener("keydown", e => {
	if (e.ctrlKey || e.metaKey || e.altKey) return;
	const typing = e.target.matches("input,select,textarea"), part = here();
	if (e.key === "Escape") {
		if (part && $(".pic.near", part)) back(part);
		else { everything(); if (typing) search.blur(); }
		return;
	}
	if (typing) return;
	const step = n => {
		const v = visible(), i = v.indexOf(part), next = v[i < 0 ? (n > 0 ? 0 : v.length - 1) : i + n];
		if (next) { const s = $("summary", next); s.focus(); s.scrollIntoView({block: "nearest"}); }
	};
	const finding = n => {
		if (!part) return;
		fill(part);
		part.open = true;
		const b = all(".place[data-at]", part), i = b.findIndex(p => p.getAttribute("aria-current") === "true");
		const next = b[i < 0 ? (n > 0 ? 0 : b.length - 1) : (i + n + b.length) % b.length];
		if (next) show(part, next.dataset.k);
	};
	const svg = part && part.open && $(".pic", part);
	const does = {"/": () => { search.focus(); search.select(); }, j: () => step(1), k: () => step(-1), n: () => finding(1), p: () => finding(-1),
		"+": () => svg && moveTo(svg, zoom(svg, .5)), "=": () => svg && moveTo(svg, zoom(svg, .5)),
		"-": () => svg && moveTo(svg, zoom(svg, 2)), "0": () => part && back(part)}[e.key];
	if (does) { e.preventDefault(); does(); }
});

// On paper every part that is shown is open and whole.
let before = [];
addEventListener("beforeprint", () => {
	visible().forEach(fill);
	before = all("details").filter(d => !d.open && !d.classList.contains("keys") && !d.classList.contains("sources"));
	for (const d of before) d.open = true;
	for (const p of visible()) { const s = $(".pic", p); if (s) { s.moving = 0; look(s, whole(s)); s.style.setProperty("--k", 1.3); } }
});
addEventListener("afterprint", () => { for (const d of before) d.open = false; before = []; label(); });

// The worst part stands open to begin with.
if (parts.length) { fill(parts[0]); parts[0].open = true; }
for (const p of parts) if (p.open && $(".pic", p)) fit($(".pic", p));
follow();
filter();
})();
