// SPDX-License-Identifier: GPL-2.0
/* The connector: its status, the modes that it lists, its "TV mode". */
#include <linux/module.h>
#include <drm/drm_atomic_helper.h>
#include <drm/drm_atomic_state_helper.h>
#include <drm/drm_managed.h>
#include <drm/drm_probe_helper.h>
#include "lead.h"

static int status = connector_status_connected;
static bool list_progressive = true;
static struct lead *the_lead;
module_param(list_progressive, bool, 0644);
MODULE_PARM_DESC(list_progressive, "list the progressive modes beside the interlaced ones");

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

static void forget(struct drm_device *drm, void *unused)
{
	the_lead = NULL;
}

int make_connector(struct lead *lead)
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
	ret = drm_connector_attach_encoder(connector, &lead->encoder);
	if (ret)
		return ret;
	the_lead = lead;
	return drmm_add_action_or_reset(drm, forget, NULL);
}
