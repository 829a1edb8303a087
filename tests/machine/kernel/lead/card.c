// SPDX-License-Identifier: GPL-2.0
/* The card that holds them together. */
#include <linux/module.h>
#include <linux/platform_device.h>
#include <drm/drm_atomic_helper.h>
#include <drm/drm_drv.h>
#include <drm/drm_gem_framebuffer_helper.h>
#include <drm/drm_gem_shmem_helper.h>
#include <drm/drm_managed.h>
#include <drm/drm_mode_config.h>
#include <drm/drm_probe_helper.h>
#include "lead.h"

static uint max_width = 2048, max_height = 2048;
module_param(max_width, uint, 0444);
MODULE_PARM_DESC(max_width, "widest framebuffer taken");
module_param(max_height, uint, 0444);
MODULE_PARM_DESC(max_height, "tallest framebuffer taken");

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
		ret = make_encoder(lead);
	if (!ret)
		ret = make_connector(lead);
	if (!ret)
		ret = make_clock(lead);
	if (ret)
		return ret;
	drm_mode_config_reset(drm);
	drm_kms_helper_poll_init(drm);
	return drm_dev_register(drm, 0);
}

static int probe(struct platform_device *device)
{
	struct lead *lead = devm_drm_dev_alloc(&device->dev, &card, struct lead, drm);
	int ret;

	if (IS_ERR(lead))
		return PTR_ERR(lead);
	ret = make_card(lead);
	if (ret)
		return ret;
	platform_set_drvdata(device, lead);
	return 0;
}

static void unplug(struct platform_device *device)
{
	struct lead *lead = platform_get_drvdata(device);

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
