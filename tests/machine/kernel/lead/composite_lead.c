// SPDX-License-Identifier: GPL-2.0
/*
 * A composite encoder without hardware, for tests: one card, one plane, one CRTC, one encoder, one connector of type
 * Composite with the kernel's own "TV mode" property. It puts nothing on any lead. What it has of a real one:
 *
 * - the encoder's bounds: clock, widths, totals, porches, and which TV mode goes with which line length. They are
 *   checked in the encoder's atomic_check, so a modeline from user space meets them however it is asked for;
 * - the field clock: a high resolution timer armed at start + n * field time, reckoned anew for each n, so that it
 *   never drifts, and time stamps that say when the field should have begun and not when the timer came;
 * - one vertical blanking and one flip a field, in the interlaced modes too;
 * - a log in debugfs (<debugfs>/dri/N/fields) of the last 4096 fields: what was latched for each.
 */
#include <linux/debugfs.h>
#include <linux/hrtimer.h>
#include <linux/math64.h>
#include <linux/module.h>
#include <linux/platform_device.h>
#include <linux/seq_file.h>
#include <linux/vmalloc.h>
#include <drm/drm_atomic.h>
#include <drm/drm_atomic_helper.h>
#include <drm/drm_atomic_state_helper.h>
#include <drm/drm_debugfs.h>
#include <drm/drm_drv.h>
#include <drm/drm_edid.h>
#include <drm/drm_encoder.h>
#include <drm/drm_file.h>
#include <drm/drm_fourcc.h>
#include <drm/drm_framebuffer.h>
#include <drm/drm_gem_framebuffer_helper.h>
#include <drm/drm_gem_shmem_helper.h>
#include <drm/drm_managed.h>
#include <drm/drm_probe_helper.h>
#include <drm/drm_vblank.h>

#define CLOCK_KHZ 13500
#define LOG_FIELDS 4096

static int status = connector_status_connected;
static bool exact_totals;
static bool list_progressive = true;
static bool halve_twice;
static uint max_width = 2048, max_height = 2048;
module_param(exact_totals, bool, 0644);
MODULE_PARM_DESC(exact_totals, "take progressive modes of exactly 262 or 312 lines only");
module_param(list_progressive, bool, 0644);
MODULE_PARM_DESC(list_progressive, "list the progressive modes beside the interlaced ones");
module_param(halve_twice, bool, 0644);
MODULE_PARM_DESC(halve_twice, "leave the interlaced frame time halved twice, so that sequence numbers step by two");
module_param(max_width, uint, 0444);
MODULE_PARM_DESC(max_width, "widest framebuffer taken");
module_param(max_height, uint, 0444);
MODULE_PARM_DESC(max_height, "tallest framebuffer taken");

/* What the plane shows: enough to find the pixels again. */
struct picture {
	u32 fb, offset, pitch, x, y;
};

struct field {
	u64 number;
	s64 stamp;
	struct picture picture;
	bool late; /* the timer came after the next field had already begun */
};

struct lead {
	struct drm_device drm;
	struct drm_plane plane;
	struct drm_crtc crtc;
	struct drm_encoder encoder;
	struct drm_connector connector;
	struct hrtimer timer;
	/* The rest is held by drm.event_lock. */
	u64 samples;      /* of one field, or of two when interlaced */
	u32 fields;       /* in that many samples: 1 or 2 */
	ktime_t start;
	u64 number;       /* of the field being scanned, from the start */
	ktime_t stamp;
	struct picture pending, latched;
	u64 logged;
	struct field *log;
};

static struct lead *the_lead;

#define to_lead(d) container_of(d, struct lead, drm)

/* ---- the field clock ---- */

static ktime_t field_start(const struct lead *lead, u64 n)
{
	return ktime_add_ns(lead->start,
			    mul_u64_u64_div_u64(n * lead->samples, 1000000, CLOCK_KHZ * lead->fields));
}

static u64 field_at(const struct lead *lead, ktime_t now)
{
	u64 n = mul_u64_u64_div_u64(ktime_sub(now, lead->start), CLOCK_KHZ * lead->fields, lead->samples * 1000000);

	while (field_start(lead, n + 1) <= now)
		n++;
	return n;
}

static void log_field(struct lead *lead, u64 number, bool late)
{
	lead->log[lead->logged++ % LOG_FIELDS] = (struct field){
		.number = number,
		.stamp = ktime_to_ns(field_start(lead, number)),
		.picture = lead->latched,
		.late = late,
	};
}

/* Fields that the timer slept through went on showing what was latched; the newest latches what is pending. */
static enum hrtimer_restart next_field(struct hrtimer *timer)
{
	struct lead *lead = container_of(timer, struct lead, timer);
	unsigned long flags;
	u64 newest, n;

	spin_lock_irqsave(&lead->drm.event_lock, flags);
	newest = max(field_at(lead, ktime_get()), lead->number + 1);
	for (n = max(lead->number + 1, newest > LOG_FIELDS ? newest - LOG_FIELDS : 0); n < newest; n++)
		log_field(lead, n, true);
	lead->latched = lead->pending;
	lead->number = newest;
	lead->stamp = field_start(lead, newest);
	log_field(lead, newest, false);
	hrtimer_set_expires(timer, field_start(lead, newest + 1));
	spin_unlock_irqrestore(&lead->drm.event_lock, flags);

	drm_crtc_handle_vblank(&lead->crtc);
	return HRTIMER_RESTART;
}

static bool get_stamp(struct drm_crtc *crtc, int *max_error, ktime_t *stamp, bool in_irq)
{
	*max_error = 0;
	*stamp = READ_ONCE(to_lead(crtc->dev)->stamp);
	return true;
}

static int fields_show(struct seq_file *file, void *unused)
{
	struct drm_debugfs_entry *entry = file->private;
	struct lead *lead = to_lead(entry->dev);
	struct field *copy = vmalloc(array_size(LOG_FIELDS, sizeof(*copy)));
	u64 i, end;

	if (!copy)
		return -ENOMEM;
	spin_lock_irq(&lead->drm.event_lock);
	memcpy(copy, lead->log, LOG_FIELDS * sizeof(*copy));
	end = lead->logged;
	spin_unlock_irq(&lead->drm.event_lock);
	seq_puts(file, "number stamp_ns fb offset pitch x y late\n");
	for (i = end > LOG_FIELDS ? end - LOG_FIELDS : 0; i < end; i++) {
		struct field *f = &copy[i % LOG_FIELDS];

		seq_printf(file, "%llu %lld %u %u %u %u %u %d\n", f->number, f->stamp, f->picture.fb,
			   f->picture.offset, f->picture.pitch, f->picture.x, f->picture.y, f->late);
	}
	vfree(copy);
	return 0;
}

/* ---- plane ---- */

static int plane_check(struct drm_plane *plane, struct drm_atomic_state *state)
{
	struct drm_plane_state *new = drm_atomic_get_new_plane_state(state, plane);
	struct drm_crtc_state *crtc_state;

	if (!new->crtc)
		return 0;
	crtc_state = drm_atomic_get_new_crtc_state(state, new->crtc);
	return drm_atomic_helper_check_plane_state(new, crtc_state, DRM_PLANE_NO_SCALING, DRM_PLANE_NO_SCALING,
						   false, true);
}

static void plane_update(struct drm_plane *plane, struct drm_atomic_state *state)
{
	struct lead *lead = to_lead(plane->dev);
	struct drm_plane_state *new = drm_atomic_get_new_plane_state(state, plane);
	struct picture picture = {};

	if (new->fb)
		picture = (struct picture){
			.fb = new->fb->base.id,
			.offset = new->fb->offsets[0],
			.pitch = new->fb->pitches[0],
			.x = new->src_x >> 16,
			.y = new->src_y >> 16,
		};
	spin_lock_irq(&lead->drm.event_lock);
	lead->pending = picture;
	spin_unlock_irq(&lead->drm.event_lock);
}

static const struct drm_plane_helper_funcs plane_helpers = {
	.atomic_check = plane_check,
	.atomic_update = plane_update,
};

static const struct drm_plane_funcs plane_funcs = {
	.update_plane = drm_atomic_helper_update_plane,
	.disable_plane = drm_atomic_helper_disable_plane,
	.destroy = drm_plane_cleanup,
	.reset = drm_atomic_helper_plane_reset,
	.atomic_duplicate_state = drm_atomic_helper_plane_duplicate_state,
	.atomic_destroy_state = drm_atomic_helper_plane_destroy_state,
};

/* ---- CRTC ---- */

static int crtc_check(struct drm_crtc *crtc, struct drm_atomic_state *state)
{
	struct drm_crtc_state *new = drm_atomic_get_new_crtc_state(state, crtc);

	/*
	 * A user's interlaced mode comes with halved crtc_v values, and the core then halves the frame time again:
	 * the software count would run at two a field. Whole values here mend it.
	 */
	if (!halve_twice)
		drm_mode_set_crtcinfo(&new->adjusted_mode, 0);
	return 0;
}

static void crtc_enable(struct drm_crtc *crtc, struct drm_atomic_state *state)
{
	struct lead *lead = to_lead(crtc->dev);
	const struct drm_display_mode *mode = &crtc->state->mode;
	ktime_t first;

	spin_lock_irq(&lead->drm.event_lock);
	lead->samples = (u64)mode->htotal * mode->vtotal;
	lead->fields = mode->flags & DRM_MODE_FLAG_INTERLACE ? 2 : 1;
	lead->start = lead->stamp = ktime_get();
	lead->number = 0;
	lead->latched = (struct picture){};
	first = field_start(lead, 1);
	spin_unlock_irq(&lead->drm.event_lock);
	drm_crtc_vblank_on(crtc);
	hrtimer_start(&lead->timer, first, HRTIMER_MODE_ABS);
}

static void crtc_disable(struct drm_crtc *crtc, struct drm_atomic_state *state)
{
	struct lead *lead = to_lead(crtc->dev);

	hrtimer_cancel(&lead->timer);
	drm_crtc_vblank_off(crtc);
	spin_lock_irq(&lead->drm.event_lock);
	if (crtc->state->event && !crtc->state->active) {
		drm_crtc_send_vblank_event(crtc, crtc->state->event);
		crtc->state->event = NULL;
	}
	spin_unlock_irq(&lead->drm.event_lock);
}

static void crtc_flush(struct drm_crtc *crtc, struct drm_atomic_state *state)
{
	struct drm_pending_vblank_event *event = crtc->state->event;

	if (!event)
		return;
	spin_lock_irq(&crtc->dev->event_lock);
	if (drm_crtc_vblank_get(crtc))
		drm_crtc_send_vblank_event(crtc, event);
	else
		drm_crtc_arm_vblank_event(crtc, event);
	crtc->state->event = NULL;
	spin_unlock_irq(&crtc->dev->event_lock);
}

static const struct drm_crtc_helper_funcs crtc_helpers = {
	.atomic_check = crtc_check,
	.atomic_enable = crtc_enable,
	.atomic_disable = crtc_disable,
	.atomic_flush = crtc_flush,
};

/* The field clock runs as long as the CRTC does, so there is nothing to switch. */
static int vblank_on(struct drm_crtc *crtc)
{
	return 0;
}

static void vblank_off(struct drm_crtc *crtc)
{
}

static const struct drm_crtc_funcs crtc_funcs = {
	.set_config = drm_atomic_helper_set_config,
	.page_flip = drm_atomic_helper_page_flip,
	.destroy = drm_crtc_cleanup,
	.reset = drm_atomic_helper_crtc_reset,
	.atomic_duplicate_state = drm_atomic_helper_crtc_duplicate_state,
	.atomic_destroy_state = drm_atomic_helper_crtc_destroy_state,
	.enable_vblank = vblank_on,
	.disable_vblank = vblank_off,
	.get_vblank_timestamp = get_stamp,
};

/* ---- encoder: the bounds ---- */

/* What one field may be, for each of the two line lengths. */
struct bounds {
	int htotal, vtotal, vdisplay, back_porch;
	u32 tv_modes;
};

#define TV(name) BIT(DRM_MODE_TV_MODE_##name)
#define EVERY_TV_MODE (TV(NTSC) | TV(NTSC_443) | TV(NTSC_J) | TV(PAL) | TV(PAL_M) | TV(PAL_N) | TV(SECAM) | TV(MONOCHROME))

static const struct bounds line_lengths[] = {
	{ 858, 262, 253, 4, TV(NTSC) | TV(NTSC_443) | TV(NTSC_J) | TV(PAL) | TV(PAL_M) | TV(MONOCHROME) },
	{ 864, 312, 305, 2, TV(PAL) | TV(PAL_N) | TV(SECAM) | TV(MONOCHROME) },
};

static bool field_fits(const struct bounds *b, const struct drm_display_mode *mode)
{
	int fields = mode->flags & DRM_MODE_FLAG_INTERLACE ? 2 : 1;
	int vdisplay = mode->vdisplay / fields, start = mode->vsync_start / fields;
	int end = mode->vsync_end / fields, vtotal = mode->vtotal / fields;

	if (exact_totals && fields == 1 && vtotal != b->vtotal)
		return false;
	return vtotal <= b->vtotal && vdisplay >= 1 && vdisplay <= b->vdisplay && start - vdisplay >= 1 &&
	       end - start == 3 && vtotal - end >= b->back_porch;
}

static int encoder_check(struct drm_encoder *encoder, struct drm_crtc_state *crtc_state,
			 struct drm_connector_state *conn_state)
{
	const struct drm_display_mode *mode = &crtc_state->mode;
	int i;

	if (mode->clock != CLOCK_KHZ || mode->hdisplay % 4 || mode->hsync_end == mode->hsync_start)
		return -EINVAL;
	for (i = 0; i < ARRAY_SIZE(line_lengths); i++) {
		const struct bounds *b = &line_lengths[i];

		if (mode->htotal == b->htotal)
			return field_fits(b, mode) && (b->tv_modes & BIT(conn_state->tv.mode)) ? 0 : -EINVAL;
	}
	return -EINVAL;
}

static const struct drm_encoder_helper_funcs encoder_helpers = {
	.atomic_check = encoder_check,
};

static const struct drm_encoder_funcs encoder_funcs = {
	.destroy = drm_encoder_cleanup,
};

/* ---- connector ---- */

#define SCAN(h1, h2, h3, v0, v1, v2, v3, f) \
	{ .clock = CLOCK_KHZ, .hdisplay = 720, .hsync_start = h1, .hsync_end = h2, .htotal = h3, \
	  .vdisplay = v0, .vsync_start = v1, .vsync_end = v2, .vtotal = v3, .flags = f, .type = DRM_MODE_TYPE_DRIVER }

static const struct drm_display_mode listed[] = {
	SCAN(734, 798, 858, 480, 487, 493, 525, DRM_MODE_FLAG_INTERLACE),
	SCAN(740, 804, 864, 576, 580, 586, 625, DRM_MODE_FLAG_INTERLACE),
	SCAN(734, 798, 858, 240, 243, 246, 262, 0),
	SCAN(740, 804, 864, 288, 290, 293, 312, 0),
};

static int list_modes(struct drm_connector *connector)
{
	int i, count = 0;

	for (i = 0; i < ARRAY_SIZE(listed); i++) {
		struct drm_display_mode *mode;

		if (!list_progressive && !(listed[i].flags & DRM_MODE_FLAG_INTERLACE))
			continue;
		mode = drm_mode_duplicate(connector->dev, &listed[i]);
		if (!mode)
			break;
		drm_mode_set_name(mode);
		drm_mode_probed_add(connector, mode);
		count++;
	}
	return count;
}

static int detect(struct drm_connector *connector, struct drm_modeset_acquire_ctx *ctx, bool force)
{
	return status;
}

static const struct drm_connector_helper_funcs connector_helpers = {
	.get_modes = list_modes,
	.detect_ctx = detect,
	.atomic_check = drm_atomic_helper_connector_tv_check,
};

static void connector_reset(struct drm_connector *connector)
{
	drm_atomic_helper_connector_reset(connector);
	drm_atomic_helper_connector_tv_reset(connector);
}

static const struct drm_connector_funcs connector_funcs = {
	.fill_modes = drm_helper_probe_single_connector_modes,
	.destroy = drm_connector_cleanup,
	.reset = connector_reset,
	.atomic_duplicate_state = drm_atomic_helper_connector_duplicate_state,
	.atomic_destroy_state = drm_atomic_helper_connector_destroy_state,
};

static int set_status(const char *text, const struct kernel_param *param)
{
	int ret = param_set_int(text, param);

	if (!ret && the_lead)
		drm_helper_hpd_irq_event(&the_lead->drm);
	return ret;
}

static const struct kernel_param_ops status_ops = { .set = set_status, .get = param_get_int };
module_param_cb(status, &status_ops, &status, 0644);
MODULE_PARM_DESC(status, "the connector's status: 1 connected, 2 disconnected, 3 unknown");

/* ---- the card ---- */

DEFINE_DRM_GEM_FOPS(card_files);

static const struct drm_driver card = {
	.driver_features = DRIVER_GEM | DRIVER_MODESET | DRIVER_ATOMIC,
	.fops = &card_files,
	DRM_GEM_SHMEM_DRIVER_OPS,
	.name = "composite_lead",
	.desc = "composite encoder without hardware",
	.date = "20250101",
	.major = 1,
};

static const struct drm_mode_config_funcs config_funcs = {
	.fb_create = drm_gem_fb_create,
	.atomic_check = drm_atomic_helper_check,
	.atomic_commit = drm_atomic_helper_commit,
};

/* The CRTC goes on before its plane is written, as with most encoders: a flip's event then has a field to wait for. */
static const struct drm_mode_config_helper_funcs config_helpers = {
	.atomic_commit_tail = drm_atomic_helper_commit_tail_rpm,
};

static int make_pipe(struct lead *lead)
{
	static const u32 formats[] = { DRM_FORMAT_XRGB8888 };
	struct drm_device *drm = &lead->drm;
	int ret;

	ret = drm_universal_plane_init(drm, &lead->plane, 1, &plane_funcs, formats, ARRAY_SIZE(formats), NULL,
				       DRM_PLANE_TYPE_PRIMARY, NULL);
	if (ret)
		return ret;
	drm_plane_helper_add(&lead->plane, &plane_helpers);
	ret = drm_crtc_init_with_planes(drm, &lead->crtc, &lead->plane, NULL, &crtc_funcs, NULL);
	if (ret)
		return ret;
	drm_crtc_helper_add(&lead->crtc, &crtc_helpers);
	ret = drm_encoder_init(drm, &lead->encoder, &encoder_funcs, DRM_MODE_ENCODER_TVDAC, NULL);
	if (ret)
		return ret;
	drm_encoder_helper_add(&lead->encoder, &encoder_helpers);
	lead->encoder.possible_crtcs = drm_crtc_mask(&lead->crtc);
	return 0;
}

static int make_connector(struct lead *lead)
{
	struct drm_device *drm = &lead->drm;
	struct drm_connector *connector = &lead->connector;
	int ret;

	ret = drm_mode_create_tv_properties(drm, EVERY_TV_MODE);
	if (!ret)
		ret = drm_mode_create_tv_margin_properties(drm);
	if (!ret)
		ret = drm_connector_init(drm, connector, &connector_funcs, DRM_MODE_CONNECTOR_Composite);
	if (ret)
		return ret;
	connector->interlace_allowed = true;
	connector->polled = DRM_CONNECTOR_POLL_HPD;
	drm_connector_helper_add(connector, &connector_helpers);
	drm_object_attach_property(&connector->base, drm->mode_config.tv_mode_property, DRM_MODE_TV_MODE_NTSC);
	drm_connector_attach_tv_margin_properties(connector);
	return drm_connector_attach_encoder(connector, &lead->encoder);
}

static int make_card(struct lead *lead)
{
	struct drm_device *drm = &lead->drm;
	int ret = drmm_mode_config_init(drm);

	if (ret)
		return ret;
	drm->mode_config.min_width = drm->mode_config.min_height = 1;
	drm->mode_config.max_width = max_width;
	drm->mode_config.max_height = max_height;
	drm->mode_config.preferred_depth = 24;
	drm->mode_config.funcs = &config_funcs;
	drm->mode_config.helper_private = &config_helpers;
	ret = make_pipe(lead);
	if (!ret)
		ret = make_connector(lead);
	if (!ret)
		ret = drm_vblank_init(drm, 1);
	if (ret)
		return ret;
	hrtimer_init(&lead->timer, CLOCK_MONOTONIC, HRTIMER_MODE_ABS);
	lead->timer.function = next_field;
	drm_mode_config_reset(drm);
	drm_kms_helper_poll_init(drm);
	drm_debugfs_add_file(drm, "fields", fields_show, NULL);
	return drm_dev_register(drm, 0);
}

static int probe(struct platform_device *device)
{
	struct lead *lead = devm_drm_dev_alloc(&device->dev, &card, struct lead, drm);
	int ret;

	if (IS_ERR(lead))
		return PTR_ERR(lead);
	lead->log = drmm_kcalloc(&lead->drm, LOG_FIELDS, sizeof(*lead->log), GFP_KERNEL);
	if (!lead->log)
		return -ENOMEM;
	ret = make_card(lead);
	if (ret)
		return ret;
	platform_set_drvdata(device, lead);
	the_lead = lead;
	return 0;
}

static void unplug(struct platform_device *device)
{
	struct lead *lead = platform_get_drvdata(device);

	the_lead = NULL;
	drm_kms_helper_poll_fini(&lead->drm);
	drm_dev_unregister(&lead->drm);
	drm_atomic_helper_shutdown(&lead->drm);
}

static struct platform_driver driver = {
	.probe = probe,
	.remove_new = unplug,
	.driver = { .name = "composite_lead" },
};

static struct platform_device *device;

static int __init lead_init(void)
{
	int ret = platform_driver_register(&driver);

	if (ret)
		return ret;
	device = platform_device_register_simple("composite_lead", -1, NULL, 0);
	if (IS_ERR(device))
		platform_driver_unregister(&driver);
	return PTR_ERR_OR_ZERO(device);
}

static void __exit lead_exit(void)
{
	platform_device_unregister(device);
	platform_driver_unregister(&driver);
}

module_init(lead_init);
module_exit(lead_exit);
MODULE_DESCRIPTION("Composite encoder without hardware, for tests");
MODULE_LICENSE("GPL");
